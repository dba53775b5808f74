"""What stands on a foot becomes dated evidence."""
