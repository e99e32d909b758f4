"""Questions as a package of items in an open standard, 1EdTech QTI 3.0 or 2.2, for other platforms to ask and score."""
