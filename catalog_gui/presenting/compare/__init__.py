"""What the Compare page thinks: what it reads, the lines of banner and table, and their words. No Qt."""
