"""What people are told: each thing once, on their page and by mail as they wish it."""
