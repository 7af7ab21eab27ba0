def take(folder, pieces, made, sessions): pass
