"""A hub on one machine: each learner a user of it, their paper in their own folder, benches in a service."""
