"""What can be bought: supplier sheets, their plausibility, the demo range, the store."""
