// Command backporch computes exact test pictures for picture-tube monitors and
// says what every test point must then read.
package main

import (
	"os"

	"backporch/internal/cli"
)

func main() { os.Exit(cli.Main()) }
