"""A gate for files of listings under version control: what is wrong, by file and line, in open formats."""
