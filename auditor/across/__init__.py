"""Rules that look at more than one listing: repeated listings, shared GTINs, suppliers that disagree, peers."""
