// Programs for the graphics card. The board is not a mesh: a ray goes through the slab of wood until it meets the grid
// of depths, so walls stay sharp from every side and a million cells cost no more than the pixels that show them.
const WOOD_VERTEX = `#version 300 es
in vec3 corner;
uniform mat4 matrix;
uniform vec3 low, high;
out vec3 world;
void main() {
  world = mix(low, high, corner);
  gl_Position = matrix * vec4(world, 1.0);
}`;

const WOOD_FRAGMENT = `#version 300 es
precision highp float;
precision highp sampler2D;
uniform sampler2D depths, nearDepths;
uniform vec4 nearWindow; // least x and y, greatest x and y of the wood seen near; empty: none
uniform float nearCell;
uniform mat4 matrix;
uniform vec3 eye, low, high;
uniform vec2 covered;
uniform float cell, thickness;
uniform bool shadeDepth;
in vec3 world;
out vec4 colour;

bool isNear(vec2 p) { return all(greaterThan(p, nearWindow.xy + nearCell)) && all(lessThan(p, nearWindow.zw - nearCell)); }
float ground(vec2 p) {
  if (isNear(p)) return -textureLod(nearDepths, (p - nearWindow.xy) / (nearWindow.zw - nearWindow.xy), 0.0).r;
  return -textureLod(depths, p / covered, 0.0).r;
}
// Slope of the wood over some cells, so that a wall is as smooth as it is cut and not as the cells are square.
vec3 normalAt(vec2 p, float e) {
  vec2 slope = vec2(0);
  for (int i = 0; i < 8; i++) {
    vec2 way = vec2(cos(0.3927 + 0.7854 * float(i)), sin(0.3927 + 0.7854 * float(i)));
    slope -= way * (ground(p + way * e) + 0.5 * ground(p + way * e * 0.5));
  }
  return normalize(vec3(slope, 5.0 * e));
}

// A number between 0 and 1 for every whole place, without rhyme; whole places are small here, so no sine is needed.
float noise1(vec2 p) {
  vec2 q = fract(p * vec2(0.3183099, 0.3678794) + 0.71);
  return fract((q.x + 0.37) * (q.y + 0.59) * 61.7 + q.x * 7.3);
}
float noise(vec2 p) {
  vec2 i = floor(p), f = fract(p);
  f = f * f * (3.0 - 2.0 * f);
  return mix(mix(noise1(i), noise1(i + vec2(1, 0)), f.x), mix(noise1(i + vec2(0, 1)), noise1(i + vec2(1, 1)), f.x), f.y);
}

vec3 byDepth(float share) {
  vec3 a = vec3(0.98, 0.90, 0.74), b = vec3(0.878, 0.722, 0.475), c = vec3(0.698, 0.49, 0.259);
  vec3 d = vec3(0.455, 0.282, 0.141), e = vec3(0.227, 0.133, 0.071);
  if (share <= 0.0) return a;
  float p = min(share, 1.0) * 3.0;
  return p < 1.0 ? mix(b, c, p) : p < 2.0 ? mix(c, d, p - 1.0) : mix(d, e, p - 2.0);
}

vec3 wood(vec3 p) {
  float wave = noise(vec2(p.x * 0.012, p.y * 0.05 + p.z * 0.04)) * 9.0;
  float ring = 0.5 + 0.5 * sin(p.y * 0.55 + p.z * 0.45 + wave);
  float fibre = noise(vec2(p.x * 0.35, p.y * 5.0 + p.z * 4.0));
  vec3 c = mix(vec3(0.95, 0.855, 0.69), vec3(0.875, 0.745, 0.55), ring * 0.55 + fibre * 0.2);
  return c * (0.985 + 0.03 * noise(p.xy * 2.2));
}

void main() {
  vec3 direction = normalize(world - eye);
  vec3 p = world;
  vec3 far = mix(low, high, step(0.0, direction));
  vec3 leave = (far - p) / direction;
  float reach = max(min(leave.x, min(leave.y, leave.z)), 0.0);
  bool isTop = world.z >= high.z - 0.001;
  bool isSide = !isTop;
  float g = ground(p.xy);
  float hit = 0.0;
  bool isOut = false;
  if (p.z > g + 0.004) {
    isSide = false;
    int steps = int(clamp(length(direction.xy) * reach / cell * 1.3, 14.0, 170.0));
    float span = reach / float(steps), a = 0.0, b = reach;
    bool found = false;
    for (int i = 1; i <= steps; i++) {
      float t = span * float(i);
      vec3 q = world + direction * t;
      if (q.z <= ground(q.xy)) { b = t; found = true; break; }
      a = t;
    }
    if (found) {
      for (int i = 0; i < 7; i++) {
        float t = 0.5 * (a + b);
        vec3 q = world + direction * t;
        if (q.z <= ground(q.xy)) b = t; else a = t;
      }
      hit = b;
    } else {
      hit = reach;
      isOut = world.z + direction.z * reach > low.z + 0.01;
    }
    p = world + direction * hit;
  }
  if (isOut) discard;
  vec3 n = vec3(0.0, 0.0, 1.0);
  if (isSide) {
    n = abs(world.x - low.x) < 0.01 ? vec3(-1, 0, 0) : abs(world.x - high.x) < 0.01 ? vec3(1, 0, 0)
      : abs(world.y - low.y) < 0.01 ? vec3(0, -1, 0) : vec3(0, 1, 0);
  } else if (p.z < -0.02) {
    n = normalAt(p.xy, (isNear(p.xy) ? nearCell : cell) * 3.0);
  }
  float deep = max(-p.z, 0.0);
  vec3 c = shadeDepth ? byDepth(deep > 0.03 ? deep / thickness : 0.0) : wood(p);
  bool isBelow = deep > thickness - 0.02;
  if (isBelow) c = shadeDepth ? byDepth(1.0) : vec3(0.36, 0.33, 0.31) * (0.92 + 0.16 * noise(p.xy * 3.0));
  else if (!shadeDepth) c *= 1.0 - 0.22 * smoothstep(0.0, thickness, deep);
  float shade = 0.0;
  if (!isSide && p.z < -0.02) {
    for (int i = 0; i < 8; i++) {
      float turn = 0.3927 + 0.7854 * float(i), r = (i % 2 == 0) ? 1.2 : 3.6;
      float rise = ground(p.xy + r * vec2(cos(turn), sin(turn))) - p.z;
      shade += clamp(rise / (r * 2.2), 0.0, 1.0);
    }
    shade /= 8.0;
  }
  vec3 light = normalize(vec3(-0.45, 0.35, 0.82));
  float lit = 0.58 + 0.46 * max(dot(n, light), 0.0);
  if (isSide) lit = 0.62 + 0.18 * abs(n.x) + 0.3 * max(dot(n, light), 0.0);
  c *= lit * (1.0 - 0.75 * shade);
  colour = vec4(c, 1.0);
  vec4 clip = matrix * vec4(p, 1.0);
  gl_FragDepth = clip.z / clip.w * 0.5 + 0.5;
}`;

// One quad a line, as wide as asked on the screen whatever the distance; `from` and `until` are the line's moments.
const LINE_VERTEX = `#version 300 es
in vec2 corner;
in vec3 a, b;
in vec4 info;
uniform mat4 matrix;
uniform vec2 screen;
uniform float now, wide, lift, thickness;
uniform int levels;
out float along, across, level, deep;
out float isLater;
void main() {
  vec3 p = a, q = b;
  isLater = 0.0;
  float begin = info.x, end = info.y;
  if (begin >= now) { isLater = 1.0; }
  else if (end > now) { q = mix(a, b, (now - begin) / max(end - begin, 1e-6)); }
  p.z += lift; q.z += lift;
  vec4 cp = matrix * vec4(p, 1.0), cq = matrix * vec4(q, 1.0);
  level = info.z;
  deep = -min(a.z, b.z) / thickness;
  bool isHidden = level >= 0.0 && ((levels >> int(level)) & 1) == 0;
  if (isHidden || cp.w < 0.5 || cq.w < 0.5) { gl_Position = vec4(2.0, 2.0, 2.0, 1.0); return; }
  vec2 sp = cp.xy / cp.w * screen * 0.5, sq = cq.xy / cq.w * screen * 0.5;
  vec2 d = sq - sp;
  float len = length(d);
  d = len > 0.01 ? d / len : vec2(1.0, 0.0);
  vec4 c = corner.x < 0.5 ? cp : cq;
  vec2 out2 = vec2(-d.y, d.x) * (corner.y - 0.5) * wide + d * (corner.x - 0.5) * (info.w > 0.5 ? 0.0 : wide * 0.6);
  along = (info.w > 0.5 ? (corner.x < 0.5 ? 0.0 : len) : 0.0);
  across = corner.y * 2.0 - 1.0;
  gl_Position = vec4(c.xy + out2 / screen * 2.0 * c.w, c.z, c.w);
}`;

const LINE_FRAGMENT = `#version 300 es
precision highp float;
uniform vec4 ink, casing;
uniform float later, dash;
in float along, across, level, deep;
in float isLater;
out vec4 colour;
vec3 ramp(float s) {
  vec3 a = vec3(0.878, 0.722, 0.475), b = vec3(0.698, 0.49, 0.259), c = vec3(0.455, 0.282, 0.141), d = vec3(0.227, 0.133, 0.071);
  float p = clamp(s, 0.0, 1.0) * 3.0;
  return p < 1.0 ? mix(a, b, p) : p < 2.0 ? mix(b, c, p - 1.0) : mix(c, d, p - 2.0);
}
void main() {
  if (dash > 0.0 && mod(along, dash) > dash * 0.62) discard;
  vec4 c = ink;
  if (level >= 0.0) c.rgb = ramp(deep);
  if (abs(across) > 0.6) c = vec4(casing.rgb, casing.a * c.a);
  c.a *= isLater > 0.5 ? later : 1.0;
  if (c.a < 0.01) discard;
  colour = c;
}`;

const MESH_VERTEX = `#version 300 es
in vec3 place, normal;
in float kind;
uniform mat4 matrix;
uniform vec3 at;
out vec3 n, p;
out float k;
void main() {
  n = normal;
  p = place;
  k = kind;
  gl_Position = matrix * vec4(place + at, 1.0);
}`;

// Kinds: 0 cutting edge, 1 shank, 2 no-go area, 3 tab, 4 shadow on the bench.
const MESH_FRAGMENT = `#version 300 es
precision highp float;
uniform float alpha;
uniform vec2 size;
uniform float turned;
in vec3 n, p;
in float k;
out vec4 colour;
void main() {
  if (k > 3.5) {
    vec2 d = max(abs(p.xy - size * 0.5) - size * 0.5, 0.0);
    colour = vec4(0.16, 0.13, 0.1, 0.34 * exp(-length(d) / 22.0));
    return;
  }
  float lit = 0.55 + 0.5 * max(dot(normalize(n), normalize(vec3(-0.45, -0.5, 0.75))), 0.0);
  if (k > 2.5) {
    colour = vec4(vec3(0.835, 0.369, 0.0) * lit, alpha);
    return;
  }
  if (k > 1.5) {
    vec2 rule = fract(vec2(p.x + p.y + p.z, p.x - p.y - p.z) / 7.0);
    float stripe = step(0.22, min(rule.x, rule.y));
    colour = vec4(mix(vec3(0.17, 0.13, 0.1), vec3(0.98), stripe) * lit, 0.72);
    return;
  }
  vec3 c = vec3(0.74, 0.76, 0.79);
  if (k < 0.5) {
    float flute = fract((atan(n.y, n.x) + turned) / 3.14159 + p.z * 0.09);
    c = mix(vec3(0.88, 0.9, 0.93), vec3(0.4, 0.43, 0.47), smoothstep(0.35, 0.5, flute) * (1.0 - smoothstep(0.82, 0.95, flute)));
  }
  colour = vec4(c * lit, alpha);
}`;
