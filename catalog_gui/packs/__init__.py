"""Reference packs on disk, read and checked."""
