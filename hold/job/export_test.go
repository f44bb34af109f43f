package job

// AtmospherePa is for the tests outside the package.
var AtmospherePa = atmospherePa
