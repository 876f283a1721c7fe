"""What many commands say, held against what they said: a digest of each part of it, in net.txt."""
