"""What a person types, to plain values. Plain Forms; nothing is saved here."""
