"""See design: filled in by its own change."""
