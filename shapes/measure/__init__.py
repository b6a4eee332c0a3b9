"""What is measured on an outline: length, bends, necks, course, path complexity, likeness."""
