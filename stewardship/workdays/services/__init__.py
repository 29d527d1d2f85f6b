"""What becomes of work days, duties, sign-ups and attendance."""
