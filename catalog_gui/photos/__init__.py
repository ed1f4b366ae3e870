"""Files on disk: metadata, upright pixels, previews, content hashes and tracks."""
