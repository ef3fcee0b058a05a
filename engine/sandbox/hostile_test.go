package sandbox

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"candelua/testdata/campaign"
)

// A hostile script does in an endless loop what costs most for what it says: library functions with
// extreme arguments, in all combinations, in places where they are called by others. It
// may spend its budget and nothing else.

// hostileSetup makes what the loops work on.
const hostileSetup = `
local long, longer, digits, hex = ('x'):rep(1e5), ('x'):rep(4e6), ('1'):rep(1e5), '0x' .. ('f'):rep(1e5)
local list, emptied, keyed, unkeyed, deep, texts, many = {}, {}, {}, {}, {}, {}, {}
for i = 1, 50000 do list[i] = i + 0.5 emptied[i] = i end
for i = 1, 50000 do emptied[i] = nil end
emptied[1] = 1
for i = 1, 20000 do keyed['k' .. i] = i unkeyed['k' .. i] = i end
for i = 1, 20000 do unkeyed['k' .. i] = nil end
for i = 1, 5000 do many[i] = i % 7 texts[i] = longer end
local chain = {}
for i = 1, 90 do chain = setmetatable({}, { __index = chain, __newindex = chain }) end
local object = setmetatable({}, { __index = rawget, __newindex = rawset, __add = rawequal, __concat = rawequal, __eq = rawequal, __lt = rawequal, __le = rawequal, __call = rawequal, __tostring = function() return longer end, __unm = rawequal })
local other = setmetatable({}, getmetatable(object))
local function args(...) return ... end
local function more(n, ...) if n == 0 then return ... end return n, more(n - 1, ...) end
local function shared(n) local a, b, c, d, e, f, g, h = 1, 2, 3, 4, 5, 6, 7, 8 local s = function() return a + b + c + d + e + f + g + h end if n > 0 then return (shared(n - 1)) end for i = 1, 1e9 do local t = function() return a, b, c, d, e, f, g, h end args(t) end end
local function below(n, f, ...) if n == 0 then return f(...) end return (below(n - 1, f, ...)) end
local formats = ('%99.99f'):rep(5000)
local n = 0
`

// hostileActs are what a loop does. They change n only where they need another value each time.
var hostileActs = []string{
	"args(long == ('x'):rep(1e5))", "args(longer == texts[2])", "args(long < longer)", "args(longer <= longer .. '')", "args(keyed[longer])", "args(keyed[long])", "keyed[long] = 1", "rawset(keyed, long, n)", "args(rawget(keyed, longer))",
	"args(chain.x)", "args(chain[1])", "args(chain[long])", "args(chain:x())", "chain.x = nil", "args(object.x)", "object.x = nil", "args(object + 1)", "args(object .. 1)", "args(object == other)", "args(object < other)", "object()", "args(-object)",
	"args(#emptied)", "args(next(emptied))", "args(next(emptied, 1))", "args(next(unkeyed))", "for _ in pairs(emptied) do end", "for _ in pairs(unkeyed) do end", "for _ in pairs(keyed) do end", "for _ in ipairs(list) do end",
	"args(unpack(many))", "args(unpack(emptied, 1, 50000))", "args(args(args(args(unpack(many)))))", "args(more(150, unpack(many)))", "args({unpack(many)})", "args({args(unpack(many))})", "args((select('#', unpack(many))))", "args(select(2500, unpack(many)))",
	"args(select(-1, unpack(many)))", "args(math.max(unpack(many)))", "args(math.min(unpack(texts)))", "args(pcall(args, unpack(many)))", "args(pcall(math.max, unpack(texts)))", "local function f(...) return f, ... end f(unpack(many))",
	"args(table.concat(list))", "args(table.concat(list, long))", "args(table.concat(emptied, '', 1, 1))", "table.insert(list, 1, 1) table.remove(list, 1)", "table.insert(list, 25000, 1) table.remove(list, 25000)", "table.remove(emptied)", "args(table.maxn(emptied))", "args(table.maxn(unkeyed))",
	"table.sort(list)", "table.sort(texts)", "table.sort(many, function(a, b) return a < b end)", "table.sort(many, function() return true end)", "table.sort({3, 2, 1}, function(a, b) table.sort(many) return a < b end)", "table.sort({3, 2, 1}, function() return ('x'):rep(1e5) end)",
	"args(tonumber(digits))", "args(tonumber(hex))", "args(tonumber(longer))", "args(tonumber(longer, 36))", "args(tonumber(digits .. 'e5'))", "args(digits + 1)", "args(1 % hex)", "args(math.floor(digits))", "for i = digits, digits do end", "args(('x'):rep(digits))", "args(tonumber('1e' .. digits))",
	"args(tonumber('0.' .. digits))", "args(-digits)", "args(digits < longer)", "args(('%d'):format(digits))", "args(tonumber(('0'):rep(1e5)))", "args(tonumber(' ' .. (' '):rep(1e5) .. 1))", "args(tonumber('nan(' .. long .. ')'))", "args(tonumber('0x.' .. hex))",
	"args(formats:format(unpack(many)))", "args(('%99.99f'):format(1e308))", "args(('%.99e'):format(5e-324))", "args(('%.99g'):format(1e-300))", "args(('%99d'):format(1))", "args(('%q'):format(longer))", "args(('%s'):format(longer))", "args(('%5.3s'):format(longer))", "args(('%s%s'):format(object, object))",
	"args(('%c'):rep(5000):format(unpack(many)))", "args(('%'):rep(1e5):format())", "args(tostring(1 / 3))", "args(tostring({}))", "args(tostring(args))", "args(tostring(object))", "print(object)", "print(1 / 3, 1e300, long)", "args(1 / 3 .. 2 / 3 .. 1e300 .. 1e-300)", "args(long .. n)", "args(long .. long .. long)",
	"args(('a'):rep(30):find(('a-'):rep(20) .. 'b'))", "args(long:find('.-.-.-b'))", "args(longer:find('y'))", "args(longer:find('[^x]'))", "args(long:find('x*y'))", "args(longer:find('', 1, true))", "args(longer:find(long .. 'y', 1, true))", "args(long:find(('[%w_]'):rep(50)))", "args(long:find('[' .. long .. ']'))",
	"args(longer:match('^(.*)$'))", "args(longer:match('^(.-)(.-)$'))", "args(long:match(('(.*)'):rep(32)))", "args(long:gsub('', ''))", "args(long:gsub('x', '%0%0'))", "args(long:gsub('x', { x = 'y' }))", "args(long:gsub('x', chain))", "args(long:gsub('.', function() end))", "args(long:gsub('x', object))", "args(longer:gsub('%b()', ''))",
	"args(long:gsub('%f[y]', ''))", "args(long:gsub('(x)%1', ''))", "for a in long:gmatch('x') do end", "for a in long:gmatch('') do end", "for a, b in long:gmatch('(x)()') do end", "args(long:gmatch('y')())", "args(('('):rep(20000):gsub('%b()', ''))", "args(long:gsub(long, long))", "args((long .. 'y'):match('^(.*)%1$'))",
	"args(longer:sub(2))", "args(longer:sub(-1))", "args(longer:lower())", "args(longer:upper())", "args(longer:reverse())", "args(longer:rep(2))", "args(('x'):rep(8e6))", "args((''):rep(1e15))", "args(long:byte(1, -1))", "args(string.char(unpack(many)))", "args(#longer)", "args(long:len())",
	"args({})", "args({1, 2, 3})", "args({x = 1, y = 2})", "local t = {} t.x = 1", "local t = {} t[1] = 1", "local t = {} t[-1] = 1", "local t = {} t[1e5] = 1", "local t = {} t[1e6] = 1", "local t = {} for i = 1, 1000 do t[i] = i end", "local t = {} for i = 1, 1000 do t['k' .. i] = i end", "args({{{{{{}}}}}})", "args({nil, nil, nil, nil, nil, nil, nil, nil, nil, nil})",
	"args(function() end)", "args(function() return n, list, args end)", "local a = n args(function() a = a + 1 end)", "shared(150)", "shared(20)", "below(150, pcall, error)", "below(190, args)", "args(pcall(error))", "args(pcall(error, long))", "args(pcall(error, 'x', 2))", "args(pcall(function() error({}) end))", "args(pcall(function() local x x.y = 1 end))",
	"args(pcall(below, 150, error, 'x'))", "args(xpcall(error, function(m) return long end))", "args(pcall(pcall, pcall, pcall, error))", "args(pcall(function() return undefined_name end))", "args(pcall(function() return _G[longer] end))", "args(pcall(string.rep))", "args(pcall(string.format, long))", "args(pcall(string.find, 'x', '[' .. long))", "args(pcall(select, 0))",
	"args(pcall(function() return {} < {} end))", "args(pcall(setmetatable, 1))", "local function g(n, ...) if n > 0 then pcall(g, n - 1, ...) end end g(150, unpack(list))", "local function g(n, ...) if n > 0 then return select(2, pcall(g, n - 1, ...)) end return ... end args(g(100, unpack(list)))", "n = n + 1 _G['name' .. n] = n", "n = n + 1 _G['name' .. n % 5000] = n args(pcall(function() return nane end))", "n = n + 1 keyed[n + 0.5] = n", "n = n + 1 list[n % 50000 + 1] = {}", "n = n + 1 texts[n % 100 + 1] = long .. n", "texts[#texts + 1] = {}",
	"args(2 ^ 0.5)", "args(5.5 % 0.3)", "args(math.exp(1.5), math.sin(1e300), math.log(3))", "args(math.random(1e15))", "args(math.fmod(1e300, 3))", "args(math.fmod(1e308, 5e-324))", "args(math.fmod(1.7e308, 3e-308))", "args(math.sin(1e308))", "args(math.pow(1.1, 1e10))", "args(rawequal(longer, longer .. ''))", "args(type(n))", "args(getmetatable(object))", "args(setmetatable({}, {}))",
	"pcall(require, 'broken')", "pcall(require, 'failing')", "pcall(require, 'missing')", "require 'large'",
}

// hostileFrames are what the acts stand in; %s is one, %[2]s another.
var hostileFrames = []string{
	"while true do %s end", "while true do %s %[2]s end", "for i = 1, 1e15 do %s end", "while true do pcall(function() %s end) end", "while true do pcall(function() %s end) pcall(function() %[2]s end) end",
	"while true do table.sort({3, 1, 2}, function(a, b) %s return a < b end) end", "while true do (('x'):rep(10)):gsub('x', function() %s end) end", "while true do tostring(setmetatable({}, { __tostring = function() %s return '' end })) end",
	"local t = setmetatable({}, { __index = function() %s end }) while true do args(t.x) end", "while true do below(100, function() %s end) end", "::again:: %s goto again", "local function f() %s return f() end f()", "while true do coroutine = nil %s end",
	"while true do xpcall(function() %s end, function() %[2]s end) end", "local kept = {} while true do kept[#kept + 1] = function() %s end kept[#kept]() end", "repeat %s until false",
	"for _ in function() %s return 1 end do end", "while true do local t = {} for i = 1, 100 do t[i] = { %d } end %[1]s end",
}

// hostile writes a script.
func hostile(seed uint64) string {
	r := rand.New(rand.NewPCG(seed, 11))
	n := uint64(len(hostileActs))
	a, b := hostileActs[seed%n], hostileActs[r.IntN(len(hostileActs))]
	frame := hostileFrames[0]
	if seed >= n {
		frame = hostileFrames[r.IntN(len(hostileFrames))]
	}
	frame = strings.ReplaceAll(frame, "%d", "i")
	frame = strings.NewReplacer("%s", a, "%[1]s", a, "%[2]s", b).Replace(frame)
	return hostileSetup + frame
}

// ended is how a hostile script came to its end.
type ended struct {
	err  string
	left int64 // of the budget
	held int64 // made since the memory was counted
}

// endure executes a hostile script. What takes a minute hangs.
func endure(t testing.TB, src string, instructions int64) (ended, time.Duration) {
	t.Helper()
	m := New(context.Background(), Limits{Instructions: instructions}, func(string) {}, 1)
	defer m.Close()
	modules := map[string]string{"broken": strings.Repeat("x = {} ", 5000) + "x = = 1", "failing": strings.Repeat("x = {} ", 5000) + "error('x')", "large": strings.Repeat("x = {} ", 5000)}
	m.Requires(func(name string) (string, []byte, error) {
		if src, ok := modules[name]; ok {
			return name + ".lua", []byte(src), nil
		}
		return "", nil, errors.New("there is none")
	}, &Library{})
	proto, err := Compile("hostile.lua", []byte(src), Limits{})
	if err != nil {
		t.Fatalf("%v\n%s", err, src)
	}
	hangs := errors.New("it hangs")
	defer time.AfterFunc(time.Minute, func() { m.Stop(hangs) }).Stop()
	start := time.Now()
	_, err = m.Call(m.Load(proto), 0)
	took := time.Since(start)
	if errors.Is(err, hangs) {
		t.Fatalf("%v\n%s", err, src)
	}
	return ended{fmt.Sprint(err), m.fuel.left, m.fuel.fresh}, took
}

// TestHostile executes hostile scripts twice, on a heap that is collected all the time and on one that
// is hardly ever: each ends, and at the same instruction. HOSTILE=n executes one of them.
func TestHostile(t *testing.T) {
	seeds := make([]uint64, 2*len(hostileActs))
	for i := range seeds {
		seeds[i] = uint64(i)
	}
	if n, err := strconv.ParseUint(os.Getenv("HOSTILE"), 10, 64); err == nil {
		seeds = seeds[:1]
		seeds[0] = n
	}
	for _, seed := range campaign.Part(t, seeds, 8, len(hostileActs)/2) {
		src := hostile(seed)
		defer debug.SetGCPercent(debug.SetGCPercent(20))
		a, _ := endure(t, src, 2_000_000)
		debug.SetGCPercent(400)
		b, _ := endure(t, src, 2_000_000)
		if a != b {
			t.Errorf("%d ends otherwise: %+v, and %+v\n%s", seed, a, b, strings.TrimPrefix(src, hostileSetup))
		}
	}
}

// BenchmarkHostile gives the time that one unit of the budget took at most, over the scripts: by a
// hundred million of them, the budget, it is the longest that a script works without a contact.
// HOSTILE=n shows the n slowest.
func BenchmarkHostile(b *testing.B) {
	type cost struct {
		perUnit float64
		src     string
	}
	var costs []cost
	const budget = 20_000_000
	for b.Loop() {
		costs = nil
		for seed := range uint64(len(hostileActs)) {
			src := hostile(seed)
			e, took := endure(b, src, budget)
			used := budget - e.left
			costs = append(costs, cost{float64(took.Nanoseconds()) / float64(max(used, 1)), fmt.Sprintf("%v %s: %s", took, strings.TrimPrefix(src, hostileSetup), e.err)})
		}
	}
	slices.SortFunc(costs, func(x, y cost) int { return -compareFloats(x.perUnit, y.perUnit) })
	b.ReportMetric(costs[0].perUnit, "ns/unit-at-most")
	n := 0
	fmt.Sscan(os.Getenv("HOSTILE"), &n)
	for _, c := range costs[:min(n, len(costs))] {
		fmt.Fprintf(os.Stderr, "%.1f ns: %s\n", c.perUnit, c.src)
	}
}

func compareFloats(x, y float64) int {
	if x < y {
		return -1
	}
	return 1
}
