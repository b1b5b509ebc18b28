"""Bytes and text to plain rows and back. Pure: no Django, no database, no clock."""
