"""What is asked on the pages, and the mutations that an answer becomes."""
