"""Sessions of practice as pure objects: typed, spoken and page drive the same."""
