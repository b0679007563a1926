"""What the entries add up to: the plan, the ledger, and the rules an entry must meet."""
