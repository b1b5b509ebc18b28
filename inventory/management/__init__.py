"""Commands: the same queries and actions as the screens, in words."""
