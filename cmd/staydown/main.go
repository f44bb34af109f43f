// Command staydown tells whether a vacuum table holds every piece while a posted RS-274 program runs.
package main

func main() {}
