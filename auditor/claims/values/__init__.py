"""What figures, letters and words of a sentence say of a tire, and how sure that is."""
