"""Small helpers for templates. No queries."""
