"""Questions: what is asked, the key, the slips, marking and explaining."""
