"""What was mixed, treated and worked: each service decides on locked records and stages."""
