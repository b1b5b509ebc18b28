"""Numbers in, numbers and reasons out. Pure: no Django, no database, no clock, no randomness."""
