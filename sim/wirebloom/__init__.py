"""Wirebloom: what a string that plays itself by electromagnetism will do, before it is built."""
