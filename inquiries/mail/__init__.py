"""Mail in and out: what came from the mailbox, what is said of it, and how ours goes out."""
