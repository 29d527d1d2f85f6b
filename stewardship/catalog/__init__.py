"""What is cleared and what it is treated with: species, active ingredients, products and cited limits."""
