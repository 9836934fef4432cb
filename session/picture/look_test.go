package picture
import ("testing";"fmt";"os")
func TestLook(t *testing.T){
 for _,c:=range cases{ 
  for _,w:=range []int{72,30}{ fmt.Println("=====",c.name,w); fmt.Print(joined(c.Text(w,w==30))) }
  os.WriteFile("/tmp/pic_"+c.name+".svg",[]byte(svgOf(t,c)),0o644)
 }
}
