"""What a formula cannot give: runs through time, each with its governing equations."""
