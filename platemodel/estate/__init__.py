"""Many houses at once: what they share, what is bought for all, and one page and tables over them."""
