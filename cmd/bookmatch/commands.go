package main

import "github.com/urfave/cli/v2"

// commands lists every noun and bench word; each comes from the file of its
// noun. To add one, write its file and name it here.
func commands(e *env) []*cli.Command {
	return append(append(clockCommands(e), completionCommands(e)...),
		shopCommand(e),
		neckCommand(e),
		routeCommand(e),
		entryCommand(e),
		kindCommand(e),
		tonightCommand(e),
		eveningCommand(e),
		demoCommand(e),
		supplyCommand(e),
		partCommand(e),
		pieceCommand(e),
		overheadCommand(e),
		woodCommand(e),
		bitCommand(e),
		dataCommand(e),
		layoutCommand(e),
		stackCommand(e),
		quoteCommand(e),
		reportCommand(e),
	)
}
