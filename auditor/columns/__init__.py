"""Each distinct text of a column is read once: codes into kept values, for whole blocks of records."""
