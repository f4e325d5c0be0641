"""Every sentence the product says of a finding."""
