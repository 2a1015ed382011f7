"""Commands. Thin: every command calls the pipeline and the report, and prints."""
