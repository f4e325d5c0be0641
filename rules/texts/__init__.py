"""What words say in titles and sales texts, one file a language."""
