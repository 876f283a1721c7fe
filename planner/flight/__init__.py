"""One flight: loading, fuel, burn, and every limit it is judged against."""
