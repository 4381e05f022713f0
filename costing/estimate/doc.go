// Package estimate turns past jobs into expected times and adds times up. A
// log of passes becomes past jobs, past jobs give the pace and spread of an
// operation, and a seeded simulation gives the hours of a whole job.
package estimate
