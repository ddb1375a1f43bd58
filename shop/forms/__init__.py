"""What people fill in: each form reads its answers, and says in one sentence what is wrong with one."""
