"""Rules that look at more than one listing: repeated listings, shared GTINs, suppliers that disagree, peers."""

from auditor.across.facts import block_facts
from auditor.across.listings import AcrossListings
from auditor.across.texts import listing_texts

__all__ = ["AcrossListings", "block_facts", "listing_texts"]
