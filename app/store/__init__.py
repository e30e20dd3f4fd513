"""What is kept: tables, reads and writes. One transaction for one write; never Flask."""
