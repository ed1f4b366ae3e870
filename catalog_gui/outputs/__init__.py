"""What goes out: sheets, labels, records and shareable pictures."""
