"""What an appliance does under each hypothesis: what a meter meets, what works, how warm it gets."""
