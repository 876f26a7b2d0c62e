package main

func (a *app) start() (int, error) { return 0, nil }
