package compile

// InMemory is for tests of packages that import this one.
var InMemory = inMemory

// Corpus generates a library of n procedures.
var Corpus = corpus
