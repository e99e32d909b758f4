"""Parts of the check of an appliance file: findings, and figures that cannot be meant."""
