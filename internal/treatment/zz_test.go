package treatment_test
import ("testing";"fmt";"tugback/internal/treatment")
func TestZZ(t *testing.T){
 s := opened(t, molar(t, 3, 35, 6))
 c := s.Canals[0]
 for i:=c.Space.Orifice-30;i<=c.Space.Foramen;i+=3 { fmt.Printf("%.2f k %.3f %.3f walls %.3f %.3f %.3f %.3f surf %.2f %.2f %.2f %.2f\n", c.Level(float64(i)*c.Space.Step), c.Space.Curvature[0][i], c.Space.Curvature[1][i], c.Space.Wall[0][i],c.Space.Wall[1][i],c.Space.Wall[2][i],c.Space.Wall[3][i],c.Space.Surface[0][i],c.Space.Surface[1][i],c.Space.Surface[2][i],c.Space.Surface[3][i]) }
 for _, st := range []int{2,5,10,15,25} {
 for _, f := range []string{"hand-steel-10.02","hand-steel-08.02","hand-steel-15.02"} {
 for _, p := range []float64{0.5,1,2} {
 _, ev := runEvents(t, s, file(s, f, "watch-winding", 0.5, p, st))
 for _, e := range ev { fmt.Printf("%d %s %.1f: %s %s lvl %.2f val %.3f %s wall %s F %.1f %s\n", st, f, p, e.Kind, e.Item, e.Level, e.Value, e.Unit, e.Wall, e.Force, e.Detail) }
 }}}
 _ = treatment.Work
}
