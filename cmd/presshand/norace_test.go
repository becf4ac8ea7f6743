//go:build !race

package main

const slowed = false
