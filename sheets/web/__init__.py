"""The page in the teacher's own browser: asks the desk, and answers with fragments of one page."""
