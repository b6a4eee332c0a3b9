"""What a theme holds, and how the fields of a teacher's file are read."""
