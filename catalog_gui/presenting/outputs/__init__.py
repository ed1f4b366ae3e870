"""Works out what Hand on shows and says: finds to choose from, what the reader gets, names of files."""
