"""What is remembered from night to night."""
