"""What people are licensed, certified or trained for, and what that was worth on a date."""
