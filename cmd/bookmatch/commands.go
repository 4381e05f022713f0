package main

import (
	"slices"

	"github.com/urfave/cli/v2"
)

// commands lists every bench word and noun, in the order of the help; each comes
// from the file of its noun. To add one, write its file and name it here.
func commands(e *env) []*cli.Command {
	desk := []*cli.Command{
		neckCommand(e),
		routeCommand(e),
		operationCommand(e),
		entryCommand(e),
		eveningCommand(e),
		supplyCommand(e),
		partCommand(e),
		pieceCommand(e),
		overheadCommand(e),
		woodCommand(e),
		bitCommand(e),
		layoutCommand(e),
		stackCommand(e),
		quoteCommand(e),
		reportCommand(e),
		shopCommand(e),
		dataCommand(e),
		demoCommand(e),
	}
	desk = append(desk, completionCommands(e)...)
	for _, c := range desk {
		c.Category = "desk"
	}
	return slices.Concat(clockCommands(e), []*cli.Command{tonightCommand(e)}, desk)
}
