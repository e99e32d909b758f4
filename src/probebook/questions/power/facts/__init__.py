"""What power questions print: figures from the core, and the names of the parts they belong to."""
