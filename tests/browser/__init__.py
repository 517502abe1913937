"""Pages in a real browser; skipped where chromium or its driver is missing."""
