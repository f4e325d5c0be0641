"""What is remembered from night to night: findings, decisions, deliveries."""
