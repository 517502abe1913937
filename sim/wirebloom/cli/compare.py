"""``wirebloom compare``: several takes side by side, loudness kept comparable."""
