"""READ: the only place that builds querysets."""
