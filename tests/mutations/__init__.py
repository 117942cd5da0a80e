"""What would be noticed if a relation were wrong: each is changed on purpose, and the tests are asked."""
