// Package mechanics holds the elastic file in a canal: how it bends and presses on the walls, how far a
// push takes it, what it cuts there, how it twists, tires and breaks; and the flow in a needle.
//
// The main idea: a file is a slender tapered beam whose offset y(s) from the canal's axis minimises
// bending energy plus wall reaction,
//
//	E[y] = ∫ Φ(κ_axis + y″ − κ_set; s) ds + ½k ∫ ([y − g₊]₊² + [−y − g₋]₊²) ds + ½ε ∫ y² ds
//
// with g± = distance to the wall minus the file's radius, once in the clinical and once in the proximal
// plane. Everything else is read from the solution: the contact forces of the two walls (kept apart, a
// squeezed file feels both), the axial resistance, the torque, the wear, the strain. No rule says where
// a ledge or a transported apex is to appear.
//
// Units: mm, N, N·mm, MPa, rad, mm³. Arc length runs from the reference point on the crown to beyond the
// foramen; y is positive to the left of the axis seen from the crown (distal, lingual). Planes are 0
// clinical and 1 proximal; walls are 0 mesial, 1 distal, 2 buccal, 3 lingual.
//
// What it does not do, and by how much that matters: rotations of the file against the axis are taken
// as small (an offset of 0.3 mm in a bend of 5 mm radius changes the curvature by 6 %); the section is
// taken alike in all directions (a triangle or square is, a flat one is softer one way); friction does
// not bend the file; the two planes share no stiffness when the file yields; the wall is a spring of
// one stiffness (WallStiffness), which spreads a point contact over some tenths of a millimetre;
// permanent set is kept in the hand's frame, and not at all of a file that is turned on by quarters.
//
// Begin reading at Worker.Stroke (stroke.go), then contact.go (the solver), push.go and wear.go. The
// numbers that were tuned stand in constants.go with what they were tuned on.
package mechanics
