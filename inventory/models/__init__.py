"""Tables and constraints; what one row knows about itself, nothing else."""
