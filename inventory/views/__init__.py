"""Faces: read a request, ask one query or call one action, answer. Touches no model."""
