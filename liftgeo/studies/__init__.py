"""Questions asked of many variants at once: which change, which input, which size."""
