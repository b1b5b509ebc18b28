"""Makes the demo season: invented, by the same actions as the screens, the same for the same day and seed."""
