"""What to ask each supplier: tables and letters."""
