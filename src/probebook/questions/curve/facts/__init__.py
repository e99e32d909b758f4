"""Facts of curve questions: the record, what is read off it, and what it says of the appliance."""
