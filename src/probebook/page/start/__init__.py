"""The start page: what a learner has done, read from the journals beside the workbooks, and where to go next."""
