"""What people read: terminal, plan file, workbook, pictures."""
