"""django-tables2 classes and list filters: the only face code that may name a model."""
