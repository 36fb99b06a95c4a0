package predict

func (in *input) json()     {}
func (in *input) xml()      {}
func (in *input) csv()      {}
func (in *input) keyValue() {}
