"""What is usual in the trade: kinds of machines, options and work, as data that can be mended."""
