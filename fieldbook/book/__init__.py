"""The record: entries, the journals they stand in, and the book that holds the journals."""
