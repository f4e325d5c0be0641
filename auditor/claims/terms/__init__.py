"""What a text is made of: words and figures with the roles that the lexicon gives them, and what is the own."""
