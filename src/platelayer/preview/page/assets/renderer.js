// Draws one scene at one moment. Owns the graphics context and nothing else.
class Renderer {
  constructor(canvas) {
    const gl = canvas.getContext("webgl2", { antialias: true, alpha: true, premultipliedAlpha: false });
    if (!gl) throw new Error("This browser has no WebGL2, which the board in three dimensions needs.");
    this.gl = gl;
    this.canvas = canvas;
    this.widest = Math.min(gl.getParameter(gl.MAX_TEXTURE_SIZE), 8192);
    this.wood = this._program(WOOD_VERTEX, WOOD_FRAGMENT);
    this.line = this._program(LINE_VERTEX, LINE_FRAGMENT);
    this.mesh = this._program(MESH_VERTEX, MESH_FRAGMENT);
    this.box = this._cube();
    gl.enable(gl.DEPTH_TEST);
    gl.blendFuncSeparate(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA, gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
  }

  _program(vertex, fragment) {
    const gl = this.gl, program = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader) || "shader");
      gl.attachShader(program, shader);
    }
    gl.linkProgram(program);
    if (!gl.getProgramParameter(program, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(program) || "program");
    const uniforms = {};
    for (let i = 0; i < gl.getProgramParameter(program, gl.ACTIVE_UNIFORMS); i++) {
      const { name } = gl.getActiveUniform(program, i);
      uniforms[name] = gl.getUniformLocation(program, name);
    }
    return { program, uniforms };
  }

  _cube() {
    const faces = [[0, 1], [1, 1], [2, 1], [0, 0], [1, 0]], data = [];
    for (const [axis, side] of faces) {
      const u = (axis + 1) % 3, v = (axis + 2) % 3;
      for (const [s, t] of [[0, 0], [1, 0], [1, 1], [0, 0], [1, 1], [0, 1]]) {
        const p = [0, 0, 0];
        p[axis] = side; p[u] = side ? s : t; p[v] = side ? t : s;
        data.push(...p);
      }
    }
    return this._array(this.wood.program, new Float32Array(data), { corner: [3, 0] }, 3);
  }

  // A vertex array of floats; parts are {name: [size, offset]}, stride in floats, divisor 1 for one a line.
  _array(program, data, parts, stride, divisor = 0, before = null) {
    const gl = this.gl, array = before || gl.createVertexArray(), buffer = gl.createBuffer();
    gl.bindVertexArray(array);
    gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
    gl.bufferData(gl.ARRAY_BUFFER, data, gl.STATIC_DRAW);
    for (const [name, [size, offset]] of Object.entries(parts)) {
      const at = gl.getAttribLocation(program, name);
      if (at < 0) continue;
      gl.enableVertexAttribArray(at);
      gl.vertexAttribPointer(at, size, gl.FLOAT, false, stride * 4, offset * 4);
      gl.vertexAttribDivisor(at, divisor);
    }
    gl.bindVertexArray(null);
    if (before) return before;
    return { array, count: data.length / stride };
  }

  lines(data) {
    const quad = new Float32Array([0, 0, 1, 0, 1, 1, 0, 0, 1, 1, 0, 1]);
    const made = this._array(this.line.program, quad, { corner: [2, 0] }, 2);
    this._array(this.line.program, data, { a: [3, 0], b: [3, 3], info: [4, 6] }, 10, 1, made.array);
    return { array: made.array, count: data.length / 10 };
  }

  solid(data) { return this._array(this.mesh.program, data, { place: [3, 0], normal: [3, 3], kind: [1, 6] }, 7); }

  depths(field) {
    const gl = this.gl, texture = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
    gl.texStorage2D(gl.TEXTURE_2D, 1, gl.R16F, field.columns, field.rows);
    for (const [name, value] of [[gl.TEXTURE_MIN_FILTER, gl.LINEAR], [gl.TEXTURE_MAG_FILTER, gl.LINEAR],
      [gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE], [gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE]]) gl.texParameteri(gl.TEXTURE_2D, name, value);
    field.dirty = [0, field.rows];
    return texture;
  }

  // Sends the rows that changed since the last time.
  refresh(texture, field) {
    const [low, high] = field.dirty;
    if (low >= high) return;
    const gl = this.gl;
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.texSubImage2D(gl.TEXTURE_2D, 0, 0, low, field.columns, high - low, gl.RED, gl.HALF_FLOAT, field.codes, low * field.columns);
    field.dirty = [field.rows, 0];
  }

  // Sizes the canvas to its box; share below 1 draws fewer pixels while things move.
  resize(share) {
    const ratio = Math.min(window.devicePixelRatio || 1, 2) * share;
    const width = Math.max(1, Math.round(this.canvas.clientWidth * ratio));
    const height = Math.max(1, Math.round(this.canvas.clientHeight * ratio));
    if (this.canvas.width !== width || this.canvas.height !== height) {
      this.canvas.width = width;
      this.canvas.height = height;
    }
    this.ratio = ratio;
    return width / height;
  }

  begin() {
    const gl = this.gl;
    gl.viewport(0, 0, this.canvas.width, this.canvas.height);
    gl.clearColor(0, 0, 0, 0);
    gl.depthMask(true);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
  }

  // The wood, in a finer grid where it is seen near.
  drawWood(scene, field, texture, near, camera, matrix, shadeDepth) {
    const gl = this.gl, { program, uniforms: u } = this.wood;
    gl.useProgram(program);
    gl.disable(gl.BLEND);
    gl.activeTexture(gl.TEXTURE1);
    gl.bindTexture(gl.TEXTURE_2D, near ? near.texture : texture);
    gl.activeTexture(gl.TEXTURE0);
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.uniform1i(u.depths, 0);
    gl.uniform1i(u.nearDepths, 1);
    gl.uniform4fv(u.nearWindow, near ? near.field.covered() : [0, 0, 0, 0]);
    gl.uniform1f(u.nearCell, near ? near.field.cell : 0);
    gl.uniformMatrix4fv(u.matrix, false, matrix);
    gl.uniform3fv(u.eye, camera.axes().eye);
    gl.uniform3f(u.low, 0, 0, -scene.floor);
    gl.uniform3f(u.high, scene.size[0], scene.size[1], 0);
    gl.uniform2f(u.covered, field.columns * field.cell, field.rows * field.cell);
    gl.uniform1f(u.cell, field.cell);
    gl.uniform1f(u.thickness, scene.thickness);
    gl.uniform1i(u.shadeDepth, shadeDepth ? 1 : 0);
    gl.enable(gl.CULL_FACE);
    gl.bindVertexArray(this.box.array);
    gl.drawArrays(gl.TRIANGLES, 0, this.box.count);
    gl.disable(gl.CULL_FACE);
  }

  drawSolid(solid, matrix, { at = [0, 0, 0], alpha = 1, size = [0, 0], turned = 0, isGlass = false }) {
    const gl = this.gl, { program, uniforms: u } = this.mesh;
    gl.useProgram(program);
    gl.enable(gl.BLEND);
    gl.depthMask(!isGlass);
    gl.uniformMatrix4fv(u.matrix, false, matrix);
    gl.uniform3fv(u.at, at);
    gl.uniform1f(u.alpha, alpha);
    gl.uniform2fv(u.size, size);
    gl.uniform1f(u.turned, turned);
    gl.bindVertexArray(solid.array);
    gl.drawArrays(gl.TRIANGLES, 0, solid.count);
    gl.depthMask(true);
  }

  // Lines on the wood, and fainter through it.
  drawLines(lines, matrix, { ink, casing = [1, 1, 1, 0.5], wide, now = Infinity, later = 0, dash = 0, levels = -1, thickness = 1, through = 0.2, lift = 0.08 }) {
    if (!lines.count) return;
    const gl = this.gl, { program, uniforms: u } = this.line;
    gl.useProgram(program);
    gl.enable(gl.BLEND);
    gl.depthMask(false);
    gl.uniformMatrix4fv(u.matrix, false, matrix);
    gl.uniform2f(u.screen, this.canvas.width, this.canvas.height);
    gl.uniform1f(u.wide, wide * this.ratio);
    gl.uniform1f(u.now, Math.min(now, 1e9));
    gl.uniform1f(u.later, later);
    gl.uniform1f(u.dash, dash * this.ratio);
    gl.uniform1f(u.lift, lift);
    gl.uniform1i(u.levels, levels);
    gl.uniform1f(u.thickness, thickness);
    gl.uniform4fv(u.casing, casing);
    gl.bindVertexArray(lines.array);
    for (const isThrough of [true, false]) {
      if (isThrough && !through) continue;
      gl.depthFunc(isThrough ? gl.GREATER : gl.LEQUAL);
      gl.uniform4f(u.ink, ink[0], ink[1], ink[2], ink[3] * (isThrough ? through : 1));
      gl.drawArraysInstanced(gl.TRIANGLES, 0, 6, lines.count);
    }
    gl.depthFunc(gl.LESS);
    gl.depthMask(true);
  }
}
