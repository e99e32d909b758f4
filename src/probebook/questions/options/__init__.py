"""What a plan may write under ``options``, checked before anything is drawn."""
