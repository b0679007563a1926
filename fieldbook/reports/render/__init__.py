"""Reports' data put into a form to read or to pass on; nothing is summed here."""
