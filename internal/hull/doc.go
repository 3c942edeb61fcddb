// Package hull finds convex hulls of points in the plane.
package hull
